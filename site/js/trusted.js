// The page's one Trusted Types policy. Worker and service worker addresses are
// the only script addresses the page ever makes; everything else is refused.

const HOSTED = /^\/(sw|engine\/[0-9a-f]+\/worker)\.js$/;

/** A saved copy starts its worker from a blob, the hosted page by address. */
function isOurs(address) {
  if (document.getElementById("worker-source")) return address.startsWith("blob:");
  const { origin, pathname } = new URL(address, location.href);
  return origin === location.origin && HOSTED.test(pathname);
}

const policy = globalThis.trustedTypes?.createPolicy("app", {
  createScriptURL(address) {
    if (!isOurs(address)) throw new TypeError("address of a foreign script");
    return address;
  },
});

/** Returns the address in the form that the browser's script sinks accept. */
export const scriptURL = (address) => (policy ? policy.createScriptURL(address) : address);
