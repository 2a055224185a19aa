"""The web server's own log. It writes the address of a request that failed outside Django."""

from __future__ import annotations

from typing import Any

from gunicorn.glogging import Logger

from garage.running.logs import HideTokens


class WebServerLog(Logger):  # type: ignore[misc]  # gunicorn ships no types
    def setup(self, cfg: Any) -> None:
        super().setup(cfg)
        for log in (self.error_log, self.access_log):
            for handler in log.handlers:
                handler.addFilter(HideTokens())
