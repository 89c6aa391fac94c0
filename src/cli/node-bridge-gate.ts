/**
 * Who may come to the board: a page of the bridge itself, once per token. Any page of the web can open a socket to this
 * machine, and a name of the web can be made to point here; so the Host that was asked for, the Origin of the page and
 * the token are each checked, exactly.
 */
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';
import { shown } from '../links/shown.ts';

const TOKEN_BYTES = 24;
const HTTP_PORT = 80;

/** Hosts under which the server that a request came to is asked for. */
function ownHosts({ socket }: IncomingMessage): readonly string[] {
  const port = socket.localPort ?? 0;
  const names = ['127.0.0.1', 'localhost'];
  const hosts = names.map((name) => `${name}:${port}`);
  return port === HTTP_PORT ? [...hosts, ...names] : hosts;
}

/** Why the Host of a request is refused, in words. */
export function wrongHost(request: IncomingMessage): string | undefined {
  const host = request.headers.host ?? '';
  if (ownHosts(request).includes(host)) return undefined;
  return `asked for as host '${shown(host)}'; allowed is ${ownHosts(request).join(' or ')}`;
}

/** Why the Origin of a request is refused, in words; a socket from no page at all has none and is refused too. */
export function wrongOrigin(request: IncomingMessage): string | undefined {
  const origin = request.headers.origin ?? '';
  const own = ownHosts(request).map((host) => `http://${host}`);
  if (own.includes(origin)) return undefined;
  return `asked by a page of '${shown(origin)}'; allowed is ${own.join(' or ')}`;
}

/** `printed` at the terminal, or `given` over the socket to the page that was there last. */
export type TokenWay = 'printed' | 'given';

/** The tokens that are good now: at most one of each way. */
export class Tokens {
  private readonly good = new Map<TokenWay, Buffer>();

  /** A new token; the one before of the same way is good no more. */
  issue(way: TokenWay): string {
    const token = randomBytes(TOKEN_BYTES).toString('base64url');
    this.good.set(way, digest(token));
    return token;
  }

  /** Which way a token was issued, undefined when it is not good. Takes the same time whatever is offered. */
  wayOf(token: string): TokenWay | undefined {
    const offered = digest(token);
    let found: TokenWay | undefined;
    for (const [way, good] of this.good) if (timingSafeEqual(good, offered)) found = way;
    return found;
  }

  /** A token opens once. */
  use(way: TokenWay): void {
    this.good.delete(way);
  }
}

const digest = (token: string): Buffer => createHash('sha256').update(token).digest();
