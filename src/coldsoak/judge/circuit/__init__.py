"""From ohms and temperatures back to the circuit and its sensor."""
