"""What the legend process leaves of each label, and what can be seen of it on the finished board."""
