"""Catalogues of parts, and a part held against a position."""
