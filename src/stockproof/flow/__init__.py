"""Stock flow: animals, crew and the running control logic in time; rate, days, waiting and what limits."""
