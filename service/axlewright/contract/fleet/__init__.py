"""The documents of the fleet store: what clients send to be kept, and what they read back."""
