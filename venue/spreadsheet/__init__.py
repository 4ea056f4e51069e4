"""A spreadsheet as somebody keeps it, read into rows of a register file. Pure."""
