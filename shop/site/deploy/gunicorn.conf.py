"""How the web process runs: threads for people who wait, limits for whatever does not behave.

Start it with ``gunicorn -c shop/site/deploy/gunicorn.conf.py shop.site.wsgi``.
"""

import os

bind = os.environ.get("KERBLINE_BIND", "127.0.0.1:8000")
worker_class = "gthread"
workers = int(os.environ.get("KERBLINE_WEB_WORKERS", "2"))
threads = int(os.environ.get("KERBLINE_WEB_THREADS", "8"))
# A request that takes longer is stuck; a stop lets those under way finish first.
timeout = 60
graceful_timeout = 30
keepalive = 5
# A worker is replaced now and then, not all at once, so that nothing can grow for ever.
max_requests = 5_000
max_requests_jitter = 500
limit_request_line = 4_094
limit_request_fields = 60
accesslog = None
# Only the proxy on this machine may say how the visitor came in.
forwarded_allow_ips = os.environ.get("KERBLINE_PROXY", "127.0.0.1")
