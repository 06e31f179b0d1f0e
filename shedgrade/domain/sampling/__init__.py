"""What a sample can say about a consignment, and how many fruit are enough."""
