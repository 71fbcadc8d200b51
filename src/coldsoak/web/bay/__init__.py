"""The pages of the bay: the program as the technician meets it at the lift."""
