"""A run: what happens while fruit is packed, what that leaves on the line, and where every kilogram went."""
