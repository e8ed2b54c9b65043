"""The plan for the rotary table: settings, laps, checks, set-up."""
