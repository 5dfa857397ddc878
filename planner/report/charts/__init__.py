"""Charts of a study, one file each: what is drawn, how to read it, and the same as a table."""
