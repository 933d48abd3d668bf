"""The English of the program, one table for each area; keys are the same in every language."""
