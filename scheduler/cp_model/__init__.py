"""The same problem as a constraint-programming model: proofs and windows."""
