/**
 * Which port: the person chooses it in the window, within a click; later, also in a worker and after the board was plugged in
 * again, the browser hands out only what was granted before. A port has no name and no serial number, so which board is
 * behind it is for its Hello to say.
 */
import { SetUpError } from './errors.ts';
import type { WebPort } from './web-serial.ts';

export interface PortInfo {
  readonly usbVendorId?: number;
  readonly usbProductId?: number;
}

export interface GrantedPort extends WebPort {
  getInfo(): PortInfo;
}

/** What is used of navigator.serial. */
export interface SerialHub {
  /** Only in a window. */ requestPort?(options?: { filters?: PortInfo[] }): Promise<GrantedPort>;
  getPorts(): Promise<GrantedPort[]>;
  addEventListener(type: 'connect' | 'disconnect', listener: () => void): void;
  removeEventListener(type: 'connect' | 'disconnect', listener: () => void): void;
}

/** navigator.serial, by its presence alone. Throws SetUpError with the other ways in. */
export function serialHub(navigator: object): SerialHub {
  const { serial } = navigator as { serial?: SerialHub };
  if (serial) return serial;
  throw new SetUpError(
    'a browser with Web Serial is needed to open a serial port here, and a page from https or this machine. ' +
      'Another way in: npm run sim -- bridge serial:PATH, which offers the board to this page',
  );
}

/**
 * Lets the person choose a port. Call it as the first thing in the handler of a click, before any await: the browser grants
 * the choice only then. Resolves undefined when nothing was chosen; rejects with SetUpError when the choice is not allowed.
 */
export function askForPort(serial: SerialHub, filters: PortInfo[] = []): Promise<GrantedPort | undefined> {
  if (!serial.requestPort) return Promise.reject(new SetUpError('a port is chosen in the window, not in a worker'));
  return serial.requestPort(filters.length > 0 ? { filters } : {}).catch((error: DOMException) => {
    if (error.name === 'NotFoundError') return undefined;
    const why =
      error.name === 'SecurityError'
        ? 'the browser lets a person choose a port only within a click, and only where the page may use serial ports ' +
          '(Permissions-Policy: serial; inside a frame also its allow attribute)'
        : error.message;
    throw new SetUpError(`no port can be chosen: ${why}`);
  });
}

/** What to look at when the list of the browser is empty or the port does not open. */
export const CHOOSER_HELP: readonly string[] = Object.freeze([
  'The board is not in the list: is it plugged in, and does its cable carry data?',
  'Linux: the rights to the port come from src/board/50-phantom-board.rules, or from its group (dialout or uucp; log in anew).',
  'Linux, browser as a snap: snap connect NAME:raw-usb. As a flatpak: it must see /run/udev and the devices.',
  'Windows and macOS: a chip between USB and UART may need its driver.',
  'Another way in: npm run sim -- bridge serial:PATH offers the board to this page.',
]);

/**
 * Granted ports that could be the one described: all that carry the same numbers. None, too, where the page may not use serial
 * ports or a worker is given none; then the window lends its port (web-serial-lend.ts).
 */
export async function portsLike(serial: Pick<SerialHub, 'getPorts'>, info: PortInfo): Promise<GrantedPort[]> {
  const ports = await serial.getPorts().catch((error: DOMException) => {
    if (error.name === 'SecurityError') return [];
    throw error;
  });
  return ports.filter((port) => {
    const { usbVendorId, usbProductId } = port.getInfo();
    return usbVendorId === info.usbVendorId && usbProductId === info.usbProductId;
  });
}

/** Calls back when a granted port comes or goes; returns the end of it. */
export function onPlugged(serial: SerialHub, hear: () => void): () => void {
  serial.addEventListener('connect', hear);
  serial.addEventListener('disconnect', hear);
  return () => {
    serial.removeEventListener('connect', hear);
    serial.removeEventListener('disconnect', hear);
  };
}
