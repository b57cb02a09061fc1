"""The web entry."""

import os

from django.core.wsgi import get_wsgi_application

from stations.trade.water import water

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

application = get_wsgi_application()
water()  # seconds of loading that the first phone at the trough should not wait for
