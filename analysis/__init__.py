"""Motion into trustworthy reps, reps into verdicts, verdicts into the next session."""
