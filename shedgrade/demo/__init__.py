"""Makes the demo season from seed_data."""
