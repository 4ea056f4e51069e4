"""Loftbook as it is, with a server that can be made to stumble."""

from config.settings import *  # noqa: F403
from config.settings import MIDDLEWARE as OURS

MIDDLEWARE = ["tests.trials.stumbles.StumblingMiddleware", *OURS]
# A quick hash: the same sign-in is made hundreds of times.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
ACCOUNT_RATE_LIMITS = False
