/**
 * What the page and the bridge say to each other before and beside the frames, and the page's way in.
 *
 * The bridge serves the page and prints its address with a token behind the #, which no browser sends and no log keeps.
 * The page offers the token as a subprotocol of its WebSocket, so that nothing opens without it. A token opens once; over
 * the open socket the bridge hands out the next one, with which the same page comes back. Beside the binary frames the
 * bridge sends texts, each a notice; the page sends none.
 */
import { SetUpError } from './errors.ts';
import { shown } from './shown.ts';
import { type MakeSocket, type SocketWire, webSocketWire } from './web-socket.ts';

/** Path of the WebSocket on the bridge. */
export const BRIDGE_PATH = '/board';
/** The subprotocol that is agreed; the token is offered beside it and never repeated. */
export const BRIDGE_PROTOCOL = 'phantom-spindle';
const TOKEN_PROTOCOL = 'token.';
const FRAGMENT = '#bridge=';
/** Time for a person to press a key at the bridge [s]. */
const PATIENCE_S = 300;

export type Notice =
  /** The token for coming back. */
  | { readonly token: string }
  /** What is waited for, in words. */
  | { readonly wait: string }
  /** Frames pass from now on; the name of the board. */
  | { readonly ready: string };

export const noticeText = (notice: Notice): string => JSON.stringify(notice);

/** Reads a notice; undefined when the text is none. */
export function readNotice(text: string): Notice | undefined {
  try {
    const found: unknown = JSON.parse(text);
    const entries = Object.entries(found as object);
    const known =
      entries.length === 1 && /^(token|wait|ready)$/.test(entries[0][0]) && typeof entries[0][1] === 'string';
    return known ? (found as Notice) : undefined;
  } catch {
    return undefined;
  }
}

/** Address of the page with a token, e.g. http://127.0.0.1:4818/#bridge=... */
export const pageAddress = (page: string, token: string): string => `${page}${FRAGMENT}${token}`;

/** Subprotocols that a page offers for a token. */
export const offeredProtocols = (token: string): string[] => [BRIDGE_PROTOCOL, `${TOKEN_PROTOCOL}${token}`];

/** The token among offered subprotocols, '' when there is none. */
export const offeredToken = (protocols: readonly string[]): string =>
  protocols.find((each) => each.startsWith(TOKEN_PROTOCOL))?.slice(TOKEN_PROTOCOL.length) ?? '';

/** Whether an address is one that a bridge printed. */
export const isBridgeAddress = (address: string): boolean => address.includes(FRAGMENT);

export interface BridgeWire extends SocketWire {
  /** The board as the bridge names it. */ readonly board: string;
  /** Address of the page for coming back; good once. */ readonly again: string;
}

export interface BridgeOptions {
  /** Makes a socket that offers the subprotocols. */
  readonly make?: (address: string, protocols: string[]) => WebSocket;
  /** Hears what the bridge waits for, such as a key press there. */ readonly onWait?: (words: string) => void;
  readonly patience_s?: number;
}

/**
 * Opens the board behind the bridge whose page has this address. Resolves when frames pass. Rejects with SetUpError when
 * the address has no token or the bridge refuses, in its words.
 */
export async function openBridgeWire(address: string, options: BridgeOptions = {}): Promise<BridgeWire> {
  const { make = (to, protocols) => new WebSocket(to, protocols), onWait, patience_s = PATIENCE_S } = options;
  const url = new URL(address);
  const token = url.hash.startsWith(FRAGMENT) ? url.hash.slice(FRAGMENT.length) : '';
  if (!/^[\w-]+$/.test(token))
    throw new SetUpError(`${url.origin}: the address has no token; open the one that the bridge printed`);
  const page = `${url.origin}${url.pathname}`;
  const socket: MakeSocket = (to) => make(to, offeredProtocols(token));
  let again = '';
  let timer: ReturnType<typeof setTimeout> | undefined;
  let settle: { ready(board: string): void; refuse(words: string): void } | undefined;
  const ready = new Promise<string>((resolve, reject) => {
    const refuse = (words: string): void => reject(new SetUpError(`bridge ${url.host}: ${words}`));
    settle = { ready: resolve, refuse };
    timer = setTimeout(() => refuse(`not ready within ${patience_s} s`), patience_s * 1000);
  });
  ready.catch(() => undefined); // heard below, or the connection did not come about
  try {
    const wire = await webSocketWire(`${url.origin.replace(/^http/, 'ws')}${BRIDGE_PATH}`, socket, {
      onText(text) {
        const notice = readNotice(text);
        if (!notice) return;
        if ('token' in notice) again = pageAddress(page, notice.token);
        else if ('wait' in notice) onWait?.(shown(notice.wait));
        else settle?.ready(shown(notice.ready));
      },
      onEnd: (words) => settle?.refuse(words),
    });
    try {
      const board = await ready;
      return Object.defineProperties({ ...wire, board } as BridgeWire, { again: { get: () => again } });
    } catch (error) {
      await wire.close();
      throw error;
    }
  } finally {
    clearTimeout(timer);
  }
}
