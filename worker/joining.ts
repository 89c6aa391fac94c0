/** Opening a board, one at a time: a new attempt or giving up ends the one before. */
import { SetUpError } from '../src/links/errors.ts';
import type { LockStepLink } from '../src/links/link.ts';
import { type Identity, type Opener, rejoin } from '../src/links/rejoin.ts';
import { type WebPort, WebSerialWire } from '../src/links/web-serial.ts';
import { onPlugged, portsLike, type SerialHub } from '../src/links/web-serial-ask.ts';
import { borrowPort } from '../src/links/web-serial-lend.ts';
import { webSocketWire } from '../src/links/web-socket.ts';
import { openBridgeWire } from '../src/links/web-socket-bridge.ts';
import type { Wire } from '../src/links/wire.ts';
import type { DrillParams } from '../src/plant/params.ts';
import { boardFor } from '../src/sensing/board.ts';
import type { BoardPlace, Refused, SerialPlace } from './api.ts';
import { elsewhere, holdPlace } from './one-tab.ts';
import { admit, type Introduced, introduce, refused } from './open-board.ts';

const GIVEN_UP: Refused = { ok: false, why: 'given up', lines: ['The attempt was given up here.'] };

/** Where a board may be, and how it is reached. */
export interface Way {
  readonly place: BoardPlace;
  /** Over which the window lends a serial port. */ readonly lent?: MessagePort | undefined;
  /** Nobody but this board, and looked for until it answers; left out: whoever is there. */
  readonly wanted?: Identity | undefined;
}

/** What is let go when an attempt is given up. */
interface Attempt {
  readonly abort: AbortController;
  socket?: WebSocket;
  wire?: Wire;
  readonly end: () => void;
}

export type Joined = ({ readonly ok: true; readonly again: string } & Introduced) | Refused;
type Candidate = Introduced & Pick<LockStepLink, 'name' | 'hello' | 'close'> & { readonly again: string };

export class Joining {
  /** What the attempt waits for, in words. */ waitsFor = '';
  private readonly onWait: () => void;
  private current: Attempt | undefined;

  /** @param onWait called when `waitsFor` has changed */
  constructor(onWait: () => void) {
    this.onWait = onWait;
  }

  /** Resolves when the board is welcome, refused, or given up. Rejects only with what no link throws. */
  open(way: Way, drill: DrillParams): Promise<Joined> {
    this.giveUp();
    return new Promise((resolve, reject) => {
      const attempt: Attempt = { abort: new AbortController(), end: () => resolve(GIVEN_UP) };
      this.current = attempt;
      this.attempt(attempt, way, drill).then(resolve, reject);
    });
  }

  /** Ends an attempt that is under way; nothing happens when there is none. */
  giveUp(): void {
    const { current } = this;
    this.current = undefined;
    this.say('');
    if (!current) return;
    current.abort.abort();
    current.socket?.close();
    void current.wire?.close();
    current.end();
  }

  private async attempt(mine: Attempt, way: Way, drill: DrillParams): Promise<Joined> {
    const give = await holdPlace(way.place);
    if (!give) return elsewhere(way.place);
    let joined = false;
    try {
      const found = await this.find(mine, way);
      if ('ok' in found) return found;
      if (mine.abort.signal.aborted) {
        await found.close();
        return GIVEN_UP;
      }
      const opened = await admit(found, drill, boardFor(drill));
      joined = opened.ok;
      if (!opened.ok) return opened;
      void opened.lost.then(give);
      const { link } = opened;
      return { ...opened, again: found.again, link: { ...link, close: () => link.close().finally(give) } };
    } catch (error) {
      return refused(error);
    } finally {
      if (!joined) give();
      if (this.current === mine) {
        this.current = undefined;
        this.say('');
      }
    }
  }

  /** Whoever is there; or the wanted board and no other, however long it takes. A bridge looks for its board itself. */
  private async find(mine: Attempt, way: Way): Promise<Candidate | Refused> {
    const { wanted, place } = way;
    if (!wanted || place.kind === 'bridge') return this.reach(mine, way);
    this.say(`${wanted.board} ${wanted.uid} must answer again`);
    const { serial } = navigator as { serial?: SerialHub };
    const result = await rejoin<Candidate>(wanted, () => this.openers(mine, way), {
      signal: mine.abort.signal,
      onWords: (words) => this.sayOf(mine, words),
      ...(serial && place.kind === 'serial' ? { onHint: (hear) => onPlugged(serial, hear) } : {}),
    });
    if ('link' in result) return result.link;
    return { ok: false, why: result.outcome === 'given up' ? 'no answer' : 'set-up', lines: [result.words] };
  }

  /** A port that is plugged in again is another object: every granted one that looks like it may be it. */
  private async openers(mine: Attempt, way: Way): Promise<Opener<Candidate>[]> {
    const { place } = way;
    const name = place.kind === 'socket' ? place.address : place.kind === 'serial' ? place.name : place.page;
    const ports = place.kind === 'serial' ? await grantedLike(place) : [];
    if (ports.length === 0) return [{ name, open: () => this.reach(mine, way) }];
    return ports.map((port) => ({ name, open: () => this.reach(mine, way, port) }));
  }

  private async reach(mine: Attempt, way: Way, port?: WebPort): Promise<Candidate> {
    const wire = await this.wireTo(mine, way, port);
    if (mine.abort.signal.aborted) {
      await wire.close();
      throw new SetUpError(GIVEN_UP.lines[0]);
    }
    mine.wire = wire;
    const introduced = await introduce(wire);
    const { name, hello, close } = introduced.link;
    return { ...introduced, name, hello, close, again: 'again' in wire ? String(wire.again) : '' };
  }

  /** Rejects with SetUpError that says what is allowed. */
  private async wireTo(mine: Attempt, { place, lent }: Way, port?: WebPort): Promise<Wire> {
    const make = (to: string, protocols: string[] = []): WebSocket => {
      mine.socket = new WebSocket(to, protocols);
      return mine.socket;
    };
    const say = (words: string): void => this.sayOf(mine, words);
    if (place.kind === 'socket') return webSocketWire(checked(place.address), make);
    if (place.kind === 'bridge') return openBridgeWire(place.page, { make, onWait: say });
    const { name, baud } = place;
    const wire = new WebSerialWire(port ?? (await portOf(place, lent)), { name, baud, onWords: say });
    mine.wire = wire;
    try {
      await wire.open();
    } catch (error) {
      await wire.close();
      throw error;
    }
    return wire;
  }

  private sayOf(mine: Attempt, words: string): void {
    if (this.current === mine) this.say(words);
  }

  private say(words: string): void {
    if (words === this.waitsFor) return;
    this.waitsFor = words;
    this.onWait();
  }
}

/** Granted ports in this worker that look like the one the person chose. */
async function grantedLike({ like }: SerialPlace): Promise<WebPort[]> {
  const { serial } = navigator as { serial?: SerialHub };
  return serial ? portsLike(serial, like).catch(() => []) : [];
}

/**
 * The port itself where the browser hands it to a worker: then no window is between board and drill. Two ports that look
 * alike cannot be told apart, so then, and where a worker gets none, the window lends the one that the person chose.
 */
async function portOf(place: SerialPlace, lent: MessagePort | undefined): Promise<WebPort> {
  const alike = await grantedLike(place);
  if (alike.length === 1) return alike[0];
  if (lent) return borrowPort(lent);
  throw new SetUpError(`${place.name}: the browser gives this port to the window only, and the window did not lend it`);
}

/** A browser would read an address without its scheme as one of its own server. */
function checked(address: string): string {
  if (/^wss?:\/\/[^/]/.test(address) && URL.canParse(address)) return address;
  throw new SetUpError(`${address === '' ? 'no address' : address}: allowed is ws://HOST:PORT/PATH or wss://...`);
}
