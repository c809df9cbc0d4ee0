"""The forecaster: numbers of one brew in, a distribution out. Pure, deterministic, without a clock."""
