"""What loads mean: limits and how each load stands to them."""
