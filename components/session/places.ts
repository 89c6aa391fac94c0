/** Ways to a board. */
import { askForPort, type GrantedPort, type SerialHub, serialHub } from '../../src/links/web-serial-ask.ts';
import { lendPort } from '../../src/links/web-serial-lend.ts';
import { isBridgeAddress } from '../../src/links/web-socket-bridge.ts';
import type { Place } from './driver.ts';

/** Where a reloaded page finds the way back to the bridge that it came from. */
const KEPT = 'phantom-spindle-bridge';

/** A board at a WebSocket address. */
export function socketPlace(address: string): Place {
  return { name: address, join: (session, wanted) => session.connect({ kind: 'socket', address }, { wanted }) };
}

/**
 * The board behind the bridge that brought the page here, undefined when none did. The token opens once and is taken out of
 * the address bar at once; the bridge gives the next one, which also a reload of this tab finds.
 */
export function bridgePlace(): Place | undefined {
  const { href, host, pathname, search } = location;
  if (isBridgeAddress(href)) {
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

/** The browser's serial ports; or, in words, why there are none and what else there is. */
export function serialPorts(): SerialHub | string {
  try {
    return serialHub(navigator);
  } catch (error) {
    return (error as Error).message;
  }
}

/**
 * Lets the person choose a port. The first thing in the handler of a click: the browser grants the choice only then. Resolves
 * undefined when nothing was chosen; rejects with the reason when the choice is not allowed.
 */
export function chooseSerial(hub: SerialHub, baud: () => number): Promise<Place | undefined> {
  return askForPort(hub).then((port) => port && serialPlace(port, baud()));
}

function serialPlace(port: GrantedPort, baud: number): Place {
  const like = port.getInfo();
  const name = `serial port${numbers(like)} at ${baud} Bd`;
  return {
    name,
    join(session, wanted) {
      const { port1, port2 } = new MessageChannel();
      lendPort(port, port1);
      return session.connect({ kind: 'serial', name, baud, like }, { lent: port2, wanted });
    },
  };
}

function numbers({ usbVendorId, usbProductId }: ReturnType<GrantedPort['getInfo']>): string {
  const hex = (number: number | undefined) => (number ?? 0).toString(16).padStart(4, '0');
  return usbVendorId === undefined ? '' : ` ${hex(usbVendorId)}:${hex(usbProductId)}`;
}
