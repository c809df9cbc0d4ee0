"""The command line: the same acts, answers and sums as the pages, by the same names."""
