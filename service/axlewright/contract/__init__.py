"""The wire: what is sent, what is answered, and how what is wrong is told."""
