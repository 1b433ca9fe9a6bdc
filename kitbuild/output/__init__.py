"""Documents become PDF, listings become CSV, and files reach the disk whole or not at all."""
