"""What the pages show, made from the values of the stages."""
