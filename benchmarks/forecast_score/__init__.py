"""The forecast of the level window, measured on recorded and practised warm-ups."""
