"""recap: from an inspection sheet of old capacitors to an order, work orders and proven rails."""
