"""One module for each thing that a machine cannot have done, and the observer behind the slow ones."""
