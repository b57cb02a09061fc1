"""The web entry."""

import os
from threading import Timer

from django.core.wsgi import get_wsgi_application

from stations.trade.water import water

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

application = get_wsgi_application()
# The properties of water take seconds to load. The first phone at the trough should not wait for
# them, nor should the phones that all come back at once when the server was restarted.
warm_up = Timer(10.0, water)
warm_up.daemon = True
warm_up.start()
