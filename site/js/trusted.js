// The page's one Trusted Types policy. Worker and service worker addresses are
// the only script addresses the page ever makes; everything else is refused.

const allowed = (address) =>
  address.startsWith("blob:") || new URL(address, location.href).origin === location.origin;

const policy = globalThis.trustedTypes?.createPolicy("app", {
  createScriptURL(address) {
    if (!allowed(address)) throw new TypeError("address of a foreign script");
    return address;
  },
});

/** Returns the address in the form that the browser's script sinks accept. */
export const scriptURL = (address) => (policy ? policy.createScriptURL(address) : address);
