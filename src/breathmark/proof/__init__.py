"""Reading back what came out and holding it against the plan."""
