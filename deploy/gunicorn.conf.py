"""gunicorn's settings, embedded default and server alike; a flag on the command line wins."""

import os

# Threads: most of a request is waiting for the database or sending a picture.
workers = int(os.environ.get("BRIEFLOCK_WEB_PROCESSES", "2"))
threads = int(os.environ.get("BRIEFLOCK_WEB_THREADS", "6"))
worker_class = "gthread"
preload_app = True
# A layout of 512 MiB on a slow line.
timeout = 600
graceful_timeout = 5
accesslog = None
errorlog = "-"
control_socket_disable = True
