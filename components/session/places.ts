/** Ways to a board. */
import type { Place } from './driver.ts';

/** How the bridge marks the token that it gives the page (src/links/web-socket-bridge.ts). */
const BRIDGE_MARK = '#bridge=';
/** Where a reloaded page finds the way back to the bridge that it came from. */
const KEPT = 'phantom-spindle-bridge';

/** A board at a WebSocket address. */
export function socketPlace(address: string): Place {
  return { name: address, join: (session) => session.connect({ kind: 'socket', address }) };
}

/**
 * The board behind the bridge that brought the page here, undefined when none did. The token opens once and is taken out of
 * the address bar at once; the bridge gives the next one, which also a reload of this tab finds.
 */
export function bridgePlace(): Place | undefined {
  const { href, hash, host, pathname, search } = location;
  if (hash.startsWith(BRIDGE_MARK)) {
    sessionStorage.setItem(KEPT, href);
    history.replaceState(null, '', pathname + search);
  }
  if (sessionStorage.getItem(KEPT) === null) return undefined;
  return {
    name: `the board behind the bridge at ${host}`,
    async join(session) {
      const joined = await session.connect({ kind: 'bridge', page: sessionStorage.getItem(KEPT) ?? href });
      if (joined.ok && joined.again) sessionStorage.setItem(KEPT, joined.again);
      return joined;
    },
  };
}
