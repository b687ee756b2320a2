"""What was asked, whether it was done, and what follows from it; pure."""
