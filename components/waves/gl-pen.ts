/**
 * Draws through webgl-plot with a single context for all rows. Every trace becomes one triangle strip: thin lines of
 * the library are one device pixel wide and its thick ones are slow, while a strip gives any width, gaps and dots in
 * one draw call. Pieces of a strip are joined by triangles without area.
 */
import { ColorRGBA, WebglPlot, WebglSquare } from 'webgl-plot';
import type { Pen } from './pen.ts';

/** Triangles' corners that are drawn at once; a trace that needs more is drawn in pieces. */
const CORNERS = 16384;

export class GlPen implements Pen {
  readonly kind = 'gl';
  private readonly canvas: HTMLCanvasElement;
  private readonly gl: WebGLRenderingContext;
  private readonly plot: WebglPlot;
  private readonly mesh: WebglSquare;
  private readonly store = new Float32Array(CORNERS * 2);
  private readonly colors = new Map<string, ColorRGBA>();
  private used = 0;
  private color = '#000000';
  private ratio = 1;
  private bold = 1;

  constructor(canvas: HTMLCanvasElement, gl: WebGLRenderingContext) {
    this.canvas = canvas;
    this.gl = gl;
    this.plot = new WebglPlot(canvas); // takes the context that the canvas already has
    this.mesh = new WebglSquare(new ColorRGBA(0, 0, 0, 1));
    this.mesh.xy = this.store;
    this.plot.addSurface(this.mesh);
  }

  resize(width: number, height: number, ratio: number, bold = 1): void {
    this.bold = bold;
    this.canvas.width = Math.round(width * ratio);
    this.canvas.height = Math.round(height * ratio);
    this.ratio = ratio;
    this.plot.viewport(0, 0, this.canvas.width, this.canvas.height);
    // Pixels from the upper left to clip space.
    this.mesh.scaleX = 2 / width;
    this.mesh.offsetX = -1;
    this.mesh.scaleY = -2 / height;
    this.mesh.offsetY = 1;
  }

  begin(): void {
    this.gl.disable(this.gl.SCISSOR_TEST);
    this.plot.clear();
  }

  clip(x: number, y: number, width: number, height: number): void {
    const { gl, ratio } = this;
    gl.enable(gl.SCISSOR_TEST);
    const bottom = Math.round(this.canvas.height - (y + height) * ratio);
    gl.scissor(
      Math.round(x * ratio),
      bottom,
      Math.max(0, Math.round(width * ratio)),
      Math.max(0, Math.round(height * ratio)),
    );
  }

  line(points: Float32Array, count: number, color: string, width: number): void {
    this.color = color;
    const half = (width * this.bold) / 2;
    // Pieces overlap a little, so that a sharp bend shows no notch.
    const overlap = half * 0.6;
    for (let k = 1; k < count; k++) {
      const x0 = points[2 * k - 2];
      const y0 = points[2 * k - 1];
      const x1 = points[2 * k];
      const y1 = points[2 * k + 1];
      const length = Math.hypot(x1 - x0, y1 - y0);
      if (!(length > 0)) continue;
      const ux = (x1 - x0) / length;
      const uy = (y1 - y0) / length;
      const nx = -uy * half;
      const ny = ux * half;
      const ax = x0 - ux * overlap;
      const ay = y0 - uy * overlap;
      const bx = x1 + ux * overlap;
      const by = y1 + uy * overlap;
      this.quad(ax + nx, ay + ny, ax - nx, ay - ny, bx + nx, by + ny, bx - nx, by - ny);
    }
    this.flush(color);
  }

  dots(points: Float32Array, count: number, color: string, size: number): void {
    this.color = color;
    const h = size / 2;
    for (let k = 0; k < count; k++) {
      const x = points[2 * k];
      const y = points[2 * k + 1];
      if (!Number.isNaN(y)) this.quad(x - h, y - h, x - h, y + h, x + h, y - h, x + h, y + h);
    }
    this.flush(color);
  }

  band(points: Float32Array, count: number, color: string): void {
    this.color = color;
    let open = false;
    for (let k = 0; k < count; k++) {
      const x = points[3 * k];
      const above = points[3 * k + 1];
      const below = points[3 * k + 2];
      if (Number.isNaN(above)) {
        open = false;
        continue;
      }
      if (this.used > CORNERS - 4) {
        this.flush(color);
        if (open) this.edge(points[3 * k - 3], points[3 * k - 2], points[3 * k - 1]); // goes on from the last edge
      }
      if (!open && this.used > 0) {
        const last = 2 * this.used;
        this.corner(this.store[last - 2], this.store[last - 1]);
        this.corner(x, above);
      }
      open = true;
      this.edge(x, above, below);
    }
    this.flush(color);
  }

  boxes(points: Float32Array, count: number, color: string): void {
    this.band(points, count, color);
  }

  dispose(): void {
    this.gl.getExtension('WEBGL_lose_context')?.loseContext();
    this.canvas.remove();
  }

  private quad(ax: number, ay: number, bx: number, by: number, cx: number, cy: number, dx: number, dy: number): void {
    if (this.used > CORNERS - 6) this.flush(this.color);
    if (this.used > 0) {
      const last = this.used * 2;
      this.corner(this.store[last - 2], this.store[last - 1]);
      this.corner(ax, ay);
    }
    this.corner(ax, ay);
    this.corner(bx, by);
    this.corner(cx, cy);
    this.corner(dx, dy);
  }

  private edge(x: number, above: number, below: number): void {
    this.corner(x, above);
    this.corner(x, below);
  }

  private corner(x: number, y: number): void {
    this.store[2 * this.used] = x;
    this.store[2 * this.used + 1] = y;
    this.used++;
  }

  private flush(color: string): void {
    if (this.used > 2) {
      this.mesh.color = this.rgba(color);
      this.mesh.webglNumPoints = this.used;
      this.mesh.xy = this.store.subarray(0, this.used * 2); // the library uploads all that it is given
      this.plot.draw();
    }
    this.used = 0;
  }

  private rgba(hex: string): ColorRGBA {
    let color = this.colors.get(hex);
    if (!color) {
      const n = Number.parseInt(hex.slice(1), 16);
      color = new ColorRGBA(((n >> 16) & 255) / 255, ((n >> 8) & 255) / 255, (n & 255) / 255, 1);
      this.colors.set(hex, color);
    }
    return color;
  }
}
