"""Where a vehicle's load sits: centre of gravity, sides, ends and twist."""
