/**
 * Offers one board to one page of this machine. Serves the page as well, so that page and board have one origin; takes a
 * page in by its token (node-bridge-gate.ts), passes frames between the two (node-bridge-ends.ts), and keeps the board:
 * a wire that is lost is opened again, with growing pauses, for as long as the bridge runs.
 *
 * Until a person has pressed a key here, nothing that could move anything passes: no Sense, no Scene, no Power. The key
 * holds for the page that was let in and for its coming back, as long as the same board answers.
 */
import type { IncomingMessage, Server } from 'node:http';
import type { Duplex } from 'node:stream';
import { type WebSocket, WebSocketServer } from 'ws';
import { SetUpError } from '../links/errors.ts';
import { type LinkPlace, openWire } from '../links/node-kinds.ts';
import { refuseUpgrade, SOCKET_LIMITS } from '../links/node-ws.ts';
import { type Joinable, type Opener, rejoin } from '../links/rejoin.ts';
import { shown } from '../links/shown.ts';
import { BRIDGE_PATH, BRIDGE_PROTOCOL, noticeText, offeredToken, pageAddress } from '../links/web-socket-bridge.ts';
import {
  CLOSE_BOARD_LOST,
  CLOSE_BUSY,
  CLOSE_SLOW,
  CLOSE_TEXT_CAME,
  CLOSE_TOKEN,
  closeReason,
  closeText,
} from '../links/web-socket-codes.ts';
import { BYE, BYE_DONE, POWER, SCENE, SENSE } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import { BoardEnd, PageEnd, UNHEARD_MOST } from './node-bridge-ends.ts';
import { Tokens, type TokenWay, wrongHost, wrongOrigin } from './node-bridge-gate.ts';
import { serve } from './node-serve.ts';

/** Frames that may move something, or let it be moved. */
const MOVING: readonly number[] = [SENSE.id, SCENE.id, POWER.id];
const HELLO_S = 5;
/** Close code for a page when the bridge itself ends (RFC 6455, 7.4.1). */
const GOING_AWAY = 1001;

export interface BridgeSetUp {
  /** Folder of the built page. */ readonly folder: string;
  /** Port on 127.0.0.1; 0 takes any free one. */ readonly port: number;
  /** Let frames pass without a key press. */ readonly yes: boolean;
  /** Gets each line for the person at the terminal. */ readonly say: (line: string) => void;
  /** Time for a board to say Hello [s]. */ readonly hello_s?: number;
}

interface Found extends Joinable {
  readonly board: BoardEnd;
}

export class Bridge {
  /** Frames that came before the key was pressed and were not passed. */ withheld = 0;
  /** Page address printed last; good once. */ address = '';
  private readonly place: LinkPlace;
  private readonly setUp: BridgeSetUp;
  private readonly tokens = new Tokens();
  private readonly sockets = new WebSocketServer({
    ...SOCKET_LIMITS,
    noServer: true,
    handleProtocols: (offered) => (offered.has(BRIDGE_PROTOCOL) ? BRIDGE_PROTOCOL : false),
  });
  private readonly refusals = new Set<string>();
  private server: Server | undefined;
  private base = '';
  private board: BoardEnd | undefined;
  private known: Hello | undefined;
  private page: PageEnd | undefined;
  private armed = false;
  /** Whether the board has been told Bye since it last heard from a page. */ private parted = true;
  private readonly over = new AbortController();

  constructor(place: LinkPlace, setUp: BridgeSetUp) {
    this.place = place;
    this.setUp = setUp;
  }

  /** Opens the board, serves the page, prints its address. Rejects with SetUpError. */
  async open(): Promise<void> {
    const { folder, port, say } = this.setUp;
    const { server, address } = await serve(folder, port, wrongHost);
    this.server = server;
    this.base = address;
    server.on('upgrade', (request: IncomingMessage, stream: Duplex, head: Buffer) => this.knock(request, stream, head));
    try {
      this.keep(await this.reach());
    } catch (error) {
      await this.close();
      throw error;
    }
    say(`board: ${this.name}`);
    this.printAddress();
  }

  /** The key at the terminal: lets frames pass when a page waits, else prints a new address. */
  press(): void {
    if (!this.page) this.printAddress();
    else if (!this.board) this.setUp.say('the board is still looked for');
    else if (!this.armed) this.arm();
    else this.setUp.say('a page has the board, and its frames pass');
  }

  /** Parts from board and page. Never rejects. */
  async close(): Promise<void> {
    if (this.over.signal.aborted) return;
    this.over.abort();
    if (this.page) this.dismiss(this.page, GOING_AWAY, 'the bridge ends');
    await this.board?.close();
    await new Promise<void>((done) => {
      if (!this.server) return done();
      this.server.close(() => done());
      this.server.closeAllConnections();
      const linger = setTimeout(() => {
        for (const socket of this.sockets.clients) socket.terminate();
      }, 300);
      linger.unref();
    });
  }

  private get name(): string {
    const hello = this.board?.hello;
    return hello
      ? `${shown(hello.board)} ${shown(hello.uid)}, firmware ${shown(hello.firmware)}, at ${this.board?.wire.name}`
      : '';
  }

  private printAddress(): void {
    this.address = pageAddress(this.base, this.tokens.issue('printed'));
    this.setUp.say(`the page with this board, for one opening: ${this.address}`);
  }

  private arm(): void {
    this.armed = true;
    this.setUp.say('frames pass');
    this.page?.say(noticeText({ ready: this.name }));
  }

  /** A request for a socket. What is wrong with it from outside is told without opening one. */
  private knock(request: IncomingMessage, stream: Duplex, head: Buffer): void {
    const foreign = wrongHost(request) ?? wrongOrigin(request);
    const offered = (request.headers['sec-websocket-protocol'] ?? '').split(',').map((each) => each.trim());
    if (foreign !== undefined) {
      this.note(`refused a socket ${foreign}`);
      refuseUpgrade(stream, 403, foreign);
    } else if (request.url !== BRIDGE_PATH) {
      refuseUpgrade(stream, 404, `the board is at ${BRIDGE_PATH}`);
    } else {
      this.sockets.handleUpgrade(request, stream, head, (socket) => this.enter(socket, offeredToken(offered)));
    }
  }

  /** Says a refusal once, however often a page of somewhere tries. */
  private note(words: string): void {
    if (this.refusals.has(words) || this.refusals.size > 20) return;
    this.refusals.add(words);
    this.setUp.say(words);
  }

  private enter(socket: WebSocket, token: string): void {
    socket.on('error', () => undefined); // a close with its code follows
    const way = this.tokens.wayOf(token);
    const no = this.refusal(way);
    if (no) socket.close(no.code, closeReason(no.words));
    else this.admit(socket, way!);
  }

  private refusal(way: TokenWay | undefined): { readonly code: number; readonly words: string } | undefined {
    if (this.over.signal.aborted) return { code: GOING_AWAY, words: 'the bridge ends' };
    if (way === undefined) {
      this.note('refused a page whose token was used or is none of this bridge');
      const busy = this.page ? ', and a page has the board' : '';
      return { code: CLOSE_TOKEN, words: `used, or none of this bridge${busy}; Enter at the bridge prints another` };
    }
    if (!this.page) return undefined;
    this.note('refused a second page: the board is in use');
    return { code: CLOSE_BUSY, words: 'another page has it' };
  }

  private admit(socket: WebSocket, way: TokenWay): void {
    this.tokens.use(way);
    if (way === 'printed') this.armed = this.setUp.yes;
    const page: PageEnd = new PageEnd(
      socket,
      (id, bytes, length) => this.toBoard(page, id, bytes, length),
      (waiting) => this.dismiss(page, CLOSE_SLOW, `${waiting} bytes waited for it`),
    );
    this.page = page;
    socket.on('message', (data: Buffer, binary: boolean) => {
      if (binary) page.take(data);
      else this.dismiss(page, CLOSE_TEXT_CAME, 'frames are binary messages; text came');
    });
    socket.once('close', (code, reason) => this.leave(page, closeText(code, reason.toString())));
    page.say(noticeText({ token: this.tokens.issue('given') }));
    this.setUp.say(way === 'printed' ? 'a page has come' : 'the page has come back');
    this.invite();
  }

  /** Tells the page what is waited for, or that frames pass. */
  private invite(): void {
    if (!this.page) return;
    if (!this.board) {
      this.page.say(noticeText({ wait: 'the bridge is looking for its board' }));
    } else if (this.armed) {
      this.arm();
    } else {
      this.setUp.say('disconnect the power stage from motor and pack, then press Enter to let frames pass');
      this.page.say(noticeText({ wait: 'press Enter at the bridge' }));
    }
  }

  /** Ends the socket of the page, with a reason that it can show. */
  private dismiss(page: PageEnd, code: number, words: string): void {
    page.close(code, words);
    this.leave(page, closeText(code, words));
  }

  private toBoard(page: PageEnd, id: number, bytes: Uint8Array, length: number): void {
    if (page !== this.page) return;
    if (!this.board || (!this.armed && MOVING.includes(id))) {
      this.withheld++;
      return;
    }
    this.parted = id === BYE.id;
    this.board.pass(id, bytes, length);
    if (this.board.unheard > UNHEARD_MOST) {
      this.dismiss(
        page,
        CLOSE_SLOW,
        `${UNHEARD_MOST} frames in a row without one from the board; a page keeps to its credits`,
      );
    }
  }

  private leave(page: PageEnd, words: string): void {
    if (page !== this.page) return;
    this.page = undefined;
    const { traffic } = page;
    const { say } = this.setUp;
    say(`the page has gone: ${words}`);
    this.part(`${(performance.now() - page.heard_ms).toFixed(1)} ms after its last frame`);
    const dropped = [
      page.dropped && `${page.dropped} from the page`,
      this.board?.dropped && `${this.board.dropped} from the board`,
    ];
    say(
      `passed ${traffic.framesIn} frames (${traffic.bytesIn} bytes) from the page, ${traffic.framesOut} (${traffic.bytesOut} bytes) to it; ` +
        `withheld ${this.withheld}; dropped ${dropped.filter(Boolean).join(', ') || 'none'}`,
    );
    if (!this.over.signal.aborted) this.printAddress();
  }

  /** Says Bye to the board, which opens its legs, unless the page did. */
  private part(when: string): void {
    if (this.parted || !this.board) return;
    this.parted = true;
    this.board.bye(BYE_DONE);
    this.setUp.say(`the board was told Bye, ${when}`);
  }

  /** Opens the wire and waits for Hello. Rejects with Error. */
  private async reach(): Promise<BoardEnd> {
    const { hello_s = HELLO_S } = this.setUp;
    const board = new BoardEnd(await openWire(this.place));
    try {
      await new Promise<void>((resolve, reject) => {
        const fail = (words: string): void => reject(new SetUpError(`${board.wire.name}: ${words}`));
        const timer = setTimeout(() => {
          fail(
            `no Hello within ${hello_s} s; ${board.traffic.bytesIn} bytes came${board.dropped && ` (${board.dropped})`}`,
          );
        }, hello_s * 1000);
        const settle = (done: () => void) => () => {
          clearTimeout(timer);
          done();
        };
        board.onLost = (words) => settle(() => fail(words))();
        board.onFrame = () => board.hello && settle(resolve)();
        board.wire.attach(board);
        board.greet();
      });
      return board;
    } catch (error) {
      await board.close();
      throw error;
    }
  }

  /** Takes a board that has said Hello into service. */
  private keep(board: BoardEnd): void {
    this.known = board.hello!;
    this.board = board;
    board.onFrame = (id, bytes, length) => this.page?.pass(id, bytes, length);
    board.onLost = (words) => void this.find(board, words);
    if (board.loss !== undefined) board.onLost(board.loss); // as soon as it had come
  }

  /** The board is lost: the page hears it, and the wire is opened again until the same board answers. */
  private async find(lost: BoardEnd, words: string): Promise<void> {
    const { say } = this.setUp;
    this.board = undefined;
    this.parted = true;
    say(`the board is lost: ${lost.wire.name}: ${words}; it is looked for`);
    if (this.page) this.dismiss(this.page, CLOSE_BOARD_LOST, words);
    await lost.close();
    const place: Opener<Found> = { name: lost.wire.name, open: () => this.reachAgain() };
    const found = await rejoin(this.known!, async () => [place], {
      within_s: Number.POSITIVE_INFINITY,
      signal: this.over.signal,
      onWords: (told) => say(shown(told)),
    });
    if (!('link' in found)) return;
    if (this.over.signal.aborted) return found.link.close();
    if ('words' in found) {
      this.armed = this.setUp.yes; // other firmware may do anything
      say(shown(found.words));
    }
    this.keep(found.link.board);
    if (this.board) say(`the board is back: ${this.name}`);
    this.invite();
  }

  private async reachAgain(): Promise<Found> {
    const board = await this.reach();
    const { uid } = this.known!;
    // A process is known by its command: its number is another at every start.
    const hello = this.place.kind === 'exec' ? { ...board.hello!, uid } : board.hello!;
    return { name: board.wire.name, hello, board, close: () => board.close() };
  }
}
