"""The guide's pictures, taken of the running program."""
