"""What screens show: immutable, complete, already computed."""
