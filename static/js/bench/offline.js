// Lets this page be opened again without the server. Browsers allow that on https and on localhost only; elsewhere an open
// page goes on taking fruit, and must not be loaded anew.

export const canReload = "serviceWorker" in navigator && isSecureContext;

// The rules that the sample's fruit are judged by stand beside its page.
const pagesToKeep = () => ["/unsent", ...(location.pathname.match(/^\/samples\/\d+$/) ? [location.pathname, `${location.pathname}/rules`] : [])];

// Gives whether the browser now holds what it needs.
export async function keepPage() {
  if (!canReload) return false;
  try {
    await navigator.serviceWorker.register("/service-worker.js", { scope: "/" });
    const { active } = await navigator.serviceWorker.ready;
    return await asked(active, { keep: pagesToKeep() });
  } catch {
    return false;
  }
}

function asked(worker, message) {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => resolve(data);
    worker.postMessage(message, [port2]);
  });
}
