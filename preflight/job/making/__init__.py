"""How the job is made: final size, copies on the roll, production figures."""
