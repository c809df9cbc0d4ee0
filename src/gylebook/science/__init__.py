"""The sums: pure functions of numbers, one module per subject, NumPy only, no clock, no chance.

Every public function broadcasts over arrays, gives NaN outside the range in which its relation holds (it never raises
for a number), and returns a NumPy float (``np.float64``) for scalars in and an array for arrays in. Units stand in
the names: temp_c, extract_plato (g/100 g), gravity_sg (apparent specific gravity 20/20 °C in air), volume_l (at
20 °C), mass_g, co2_g_per_l, pressure_bar (gauge).

A docstring keeps this form, and ``tests/science/test_docstrings.py`` holds it: every parameter of the signature is
described with its unit in brackets ([1] for a pure number), so is each thing returned; then the range, then the
keys of ``sources.toml``, separated by commas (the bar at the left is not part of it).

  | '''One line of purpose.
  |
  | Free text, when it is needed.
  |
  | Parameters
  | ----------
  | temp_c : array_like, shape (...)
  |     Temperature [degC].
  |
  | Returns
  | -------
  | float or ndarray, shape (...)
  |     Density [kg/m3].
  |
  | Range: 0 <= temp_c <= 100; NaN outside.
  | Source: tanaka_2001, bubnik_1995
  | '''

A published or derived value that the function must meet stands in ``tests/published/<source key>/checks.toml``; the
form of that file is told in ``tests/published/test_published.py``.
"""
