// The worker that keeps the pages for times without a network, and the next state of the pages: it waits until
// the person takes it, so that nothing changes under their hands.
import { signal } from "./html.js";

export const waiting = signal(/** @type {ServiceWorker | undefined} */ (undefined));

export async function register() {
  if (!("serviceWorker" in navigator)) return;
  const registration = await navigator.serviceWorker.register("/service-worker.js", { updateViaCache: "none" });
  const look = () => {
    // A first worker has nobody to wait for.
    if (registration.waiting && navigator.serviceWorker.controller) waiting.value = registration.waiting;
  };
  look();
  // A ring was tapped while these pages were open.
  navigator.serviceWorker.addEventListener("message", ({ data }) => {
    if (typeof data?.open === "string") location.hash = new URL(data.open, location.origin).hash;
  });
  registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", look));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") registration.update().catch(() => {});
  });
}

export function takeNext() {
  navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
  waiting.peek()?.postMessage("take-over");
}
