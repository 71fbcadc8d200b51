"""The vehicle as the log shows it, and what is known beforehand of what is measured."""
