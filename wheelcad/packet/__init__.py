"""What a person takes to the machine: PDF, bench page, pictures."""
