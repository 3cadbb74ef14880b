// Lets the pocket open without signal.
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/worker.js").catch(() => {});
