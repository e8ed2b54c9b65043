"""Tests run like the program does: one thread a process, said before numpy is loaded."""

from wheelcad.surroundings import settle

settle()
