"""The seats: what the tender, the timekeeper and the supervisor each look at. They differ in nothing else."""
