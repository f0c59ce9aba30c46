"""The closed grammar of markings: clean the text, find its clauses, combine them into readings."""
