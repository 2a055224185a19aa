"""The browser of these tests, and what of it they leave out."""

from __future__ import annotations

CHROMIUM = "/usr/bin/chromium"  # Debian's
QUIET = ("no-sandbox", "disable-gpu", "disable-quic", "no-first-run", "disable-background-networking")
QUIET += ("disable-component-update", "disable-sync")
# Pages of Chromium's own that it loads for each window, half a second of a core each, and what Playwright leaves out:
# of several lists only the last counts.
LEFT_OUT = ("WebUIOmniboxPopup", "WebUIOmniboxAimPopup")
LEFT_OUT += ("AimEnabled", "AvoidCorsURLLoaderRestartOnRedirect", "AvoidUnnecessaryBeforeUnloadCheckSync")
LEFT_OUT += ("DestroyProfileOnBrowserClose", "HttpsFirstBalancedModeAutoEnable", "HttpsUpgrades", "LensOverlay")
LEFT_OUT += ("MediaRouter", "NetworkTimeServiceQuerying", "OptimizationHints", "PaintHolding", "PreconnectToSearch")
LEFT_OUT += ("TcpPortRandomizationWin", "ThirdPartyStoragePartitioning")
QUIET += (f"disable-features={','.join(LEFT_OUT)}",)
# A program for all pages, not a new one for each that is opened: what it has compiled once, axe above all, stays.
QUIET += ("renderer-process-limit=1", "disable-site-isolation-trials")
