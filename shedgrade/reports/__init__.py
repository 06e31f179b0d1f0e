"""Read and work out; give frozen dataclasses back."""
