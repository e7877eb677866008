"""Writing an entry at the desk: its fields from the schema, what is wrong with it, how it reads, where it is kept."""
