"""The history of the tables, one step a file."""
