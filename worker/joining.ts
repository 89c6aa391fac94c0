/** Opening a board, one at a time: a new attempt or giving up ends the one before. */
import { SetUpError } from '../src/links/errors.ts';
import { webSocketWire } from '../src/links/web-socket.ts';
import { openBridgeWire } from '../src/links/web-socket-bridge.ts';
import type { Wire } from '../src/links/wire.ts';
import type { DrillParams } from '../src/plant/params.ts';
import { boardFor } from '../src/sensing/board.ts';
import type { BoardPlace, Refused } from './api.ts';
import { type OpenedBoard, openBoard, refused } from './open-board.ts';
import { pipeWire } from './pipe-wire.ts';

const GIVEN_UP: Refused = { ok: false, why: 'given up', lines: ['The attempt was given up here.'] };

/** What is let go when an attempt is given up. */
interface Attempt {
  over: boolean;
  socket?: WebSocket;
  wire?: Wire;
  readonly end: () => void;
}

export type Joined = (OpenedBoard & { readonly again: string }) | Refused;

export class Joining {
  /** What the attempt waits for, in words. */ waitsFor = '';
  private readonly onWait: () => void;
  private current: Attempt | undefined;

  /** @param onWait called when `waitsFor` has changed */
  constructor(onWait: () => void) {
    this.onWait = onWait;
  }

  /** Resolves when the board is welcome, refused, or given up. Rejects only with what no link throws. */
  open(place: BoardPlace, drill: DrillParams, bytes?: MessagePort): Promise<Joined> {
    this.giveUp();
    return new Promise((resolve, reject) => {
      const attempt: Attempt = { over: false, end: () => resolve(GIVEN_UP) };
      this.current = attempt;
      this.attempt(attempt, place, drill, bytes).then(resolve, reject);
    });
  }

  /** Ends an attempt that is under way; nothing happens when there is none. */
  giveUp(): void {
    const { current } = this;
    this.current = undefined;
    this.say('');
    if (!current) return;
    current.over = true;
    current.socket?.close();
    void current.wire?.close();
    current.end();
  }

  private async attempt(mine: Attempt, place: BoardPlace, drill: DrillParams, bytes?: MessagePort): Promise<Joined> {
    try {
      const wire = await this.wireTo(mine, place, bytes);
      if (mine.over) return await letGo(wire);
      mine.wire = wire;
      const opened = await openBoard(wire, drill, boardFor(drill));
      if (!opened.ok) return opened;
      return mine.over ? await letGo(opened.link) : { ...opened, again: 'again' in wire ? String(wire.again) : '' };
    } catch (error) {
      return refused(error);
    } finally {
      if (this.current === mine) {
        this.current = undefined;
        this.say('');
      }
    }
  }

  /** Rejects with SetUpError that says what is allowed. */
  private async wireTo(mine: Attempt, place: BoardPlace, bytes: MessagePort | undefined): Promise<Wire> {
    const make = (to: string, protocols: string[] = []): WebSocket => {
      mine.socket = new WebSocket(to, protocols);
      return mine.socket;
    };
    if (place.kind === 'socket') return webSocketWire(checked(place.address), make);
    if (place.kind === 'bridge') {
      const onWait = (words: string): void => {
        if (this.current === mine) this.say(words);
      };
      return openBridgeWire(place.page, { make, onWait });
    }
    if (!bytes) throw new SetUpError(`${place.name}: the page gave no port for the bytes`);
    return pipeWire(place.name, bytes);
  }

  private say(words: string): void {
    if (words === this.waitsFor) return;
    this.waitsFor = words;
    this.onWait();
  }
}

async function letGo(what: { close(): Promise<void> }): Promise<Refused> {
  await what.close();
  return GIVEN_UP;
}

/** A browser would read an address without its scheme as one of its own server. */
function checked(address: string): string {
  if (/^wss?:\/\/[^/]/.test(address) && URL.canParse(address)) return address;
  throw new SetUpError(`${address === '' ? 'no address' : address}: allowed is ws://HOST:PORT/PATH or wss://...`);
}
