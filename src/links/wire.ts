/** What carries the bytes of a link: a process, a socket, a serial port, memory. Each kind of link makes one. */
import type { LossCause } from './link.ts';

/** Who hears what arrives. */
export interface Ear {
  /** Takes bytes: of a stream any piece, else one message. */
  take(chunk: Uint8Array): void;
  /** The wire has ended; the first reason is kept. */
  lose(cause: LossCause, what: string): void;
  /** Where the link stands, for messages. */ readonly progress: string;
}

export interface Wire {
  /** Name of the other end as the user wrote it, e.g. tcp:localhost:5301. */ readonly name: string;
  /** True when every `send` arrives as one message: then packets travel bare, else they are stuffed. */
  readonly messages?: boolean;
  /** Rate of a serial line [Bd]. The round trip of such a wire is measured as soon as the board has said Hello. */
  readonly baud?: number;
  /** Puts the bytes on their way; those of a Sense stay as they are until it is answered. */
  send(bytes: Uint8Array): void;
  /** From now on `ear` hears; called once, before anything is sent. */
  attach(ear: Ear): void;
  /** What the carrier itself noticed, in words, for the message of a loss; empty when nothing. */
  trouble?(): string;
  /** Gives back whatever was opened; may be called more than once. Never rejects. */
  close(): Promise<void>;
}
