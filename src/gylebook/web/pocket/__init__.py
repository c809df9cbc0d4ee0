"""Pocket: the page for a phone, which works without the network."""
