/** Has the browser keep the whole workbench, so that it opens without a network from the next visit on. */
export function keepForOffline(): void {
  // While it is being worked on, the page changes under one's hands.
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return;
  navigator.serviceWorker.register(new URL('service-worker.js', document.baseURI)).catch(() => {
    // A browser that allows none still measures; it only needs the network to open the page.
  });
}
