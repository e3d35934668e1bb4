"""What holds for every test."""

from hypothesis import settings

settings.register_profile("house", deadline=None, derandomize=True)
settings.load_profile("house")
# deadline: a slow machine is no failure; derandomize: the same examples everywhere, every time
