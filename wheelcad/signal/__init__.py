"""What the sensor and the controller will see."""
