"""One trainee's session: from arrivals to a board, and what is kept of it."""
