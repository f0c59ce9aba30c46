"""Pure functions, one published formula each: floats or arrays in and out, no files, no rounding."""
