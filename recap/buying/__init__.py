"""From specifications to what is bought: lines, spares and sundries."""
