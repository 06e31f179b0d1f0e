"""Trays: how many fruit fill one."""
