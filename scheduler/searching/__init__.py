"""Better plans: starting rules, annealing over orders, reinsertion."""
