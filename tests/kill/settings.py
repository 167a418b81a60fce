"""The product's settings with one more application: the load and its two job kinds."""

from config.settings import *  # noqa: F403
from config.settings import INSTALLED_APPS as _APPS
from config.settings import STORAGES as _STORAGES

INSTALLED_APPS = [*_APPS, "tests.kill.apps.KillConfig"]
ROOT_URLCONF = "tests.kill.urls"
STORAGES = {
    **_STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
