"""From files and what people write in them to records."""
