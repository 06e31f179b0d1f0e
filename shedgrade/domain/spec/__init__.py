"""Specs: the written rules of a standard or a market, as data."""
