"""wheelcad: missing-tooth crank trigger wheels for the home shop."""
