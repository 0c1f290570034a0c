"""Random examples are the same on every machine, so that what fails once fails again.

`pytest --hypothesis-profile=search` looks for new ones.
"""

from hypothesis import settings

settings.register_profile("same", derandomize=True)
settings.register_profile("search", print_blob=True)
settings.load_profile("same")
