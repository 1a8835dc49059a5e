"""Which person does which work."""
