"""From the yard, its models and its orders to the problem that a plan must solve."""
