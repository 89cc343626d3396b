// Paints the face under the lamp with the shader. One texture, one rectangle;
// the cost does not grow with the number of lines. Setting up and uploading
// are done in short steps, so that the page answers meanwhile.

import { FRAGMENT, VERTEX } from '../light-shader.js';
import { breath } from './breath.js';

const NAMES = ['lay', 'mapSize', 'mapBox', 'viewCentre', 'viewSize', 'viewScale', 'side', 'lamp', 'eye', 'colour', 'surface', 'tint', 'exposure', 'ground', 'quick'];
const WIDEST = 4096;
/** Bytes of a lay map that are handed to the graphics card in one step. */
const STEP_BYTES = 2 << 20;
/** Pixels shaded in one step of a fine picture: without a card, some 20 ms. */
const STEP_PIXELS = 200_000;
const POLL_MS = 4;

/**
 * A painter on `canvas`. It is set up in the background: `ready` is called
 * when it can paint, `lost` when there is no WebGL2 or the card was lost; from
 * then on the engine must shade.
 */
export function lightPainter(canvas, { ready, lost }) {
  let gl = null;
  let at = null;
  let texture = null;
  let map = null;
  let wanted = null;
  let largest = WIDEST;
  let isLost = false;
  let finely = null; // the fine picture that is being painted
  let hasPicture = false;
  let sheet = null; // where it is painted: {frame, picture, width, height}

  canvas.addEventListener('webglcontextlost', () => {
    at = map = null;
    isLost = true;
    lost();
  });
  begin().then((done) => {
    isLost ||= !done;
    if (done) ready();
    else lost();
  });

  async function begin() {
    await breath();
    gl = canvas.getContext('webgl2', { antialias: false, premultipliedAlpha: true, preserveDrawingBuffer: true });
    if (!gl) return false;
    await breath();
    const program = await linked(gl);
    if (!program) return false;
    gl.useProgram(program);
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([-1, -1, 3, -1, -1, 3]), gl.STATIC_DRAW);
    const corner = gl.getAttribLocation(program, 'corner');
    gl.enableVertexAttribArray(corner);
    gl.vertexAttribPointer(corner, 2, gl.FLOAT, false, 0, 0);
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.clearColor(0, 0, 0, 0);
    largest = Math.min(WIDEST, gl.getParameter(gl.MAX_TEXTURE_SIZE));
    at = Object.fromEntries(NAMES.map((name) => [name, gl.getUniformLocation(program, name)]));
    if (wanted) await upload(wanted);
    return true;
  }

  /** Fills a new texture row by row, then shows it in place of the old one. */
  async function upload(next) {
    const fresh = gl.createTexture();
    const bind = () => gl.bindTexture(gl.TEXTURE_2D, fresh);
    bind();
    for (const [name, value] of [[gl.TEXTURE_MIN_FILTER, gl.NEAREST], [gl.TEXTURE_MAG_FILTER, gl.NEAREST], [gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE], [gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE]]) {
      gl.texParameteri(gl.TEXTURE_2D, name, value);
    }
    gl.texStorage2D(gl.TEXTURE_2D, 1, gl.RGBA8, next.width, next.height);
    const rows = Math.max(1, Math.floor(STEP_BYTES / (4 * next.width)));
    for (let row = 0; row < next.height; row += rows) {
      if (row > 0) await breath();
      if (wanted !== next || !at) {
        gl.deleteTexture(fresh);
        return;
      }
      const high = Math.min(rows, next.height - row);
      bind();
      gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, row, next.width, high, gl.RGBA, gl.UNSIGNED_BYTE, next.pixels, 4 * next.width * row);
    }
    if (texture) gl.deleteTexture(texture);
    texture = fresh;
    map = next;
  }

  return {
    /** The widest lay map that this device takes, in pixels. */
    largest: () => largest,

    /** Reports whether the newest lay map is still on its way to the screen. */
    isBusy: () => !isLost && (wanted !== map || finely !== null),

    /** Reports whether the canvas has ever been painted on. */
    hasPicture: () => hasPicture,

    /** Takes a new lay map {width, height, box, pixels}; null clears. */
    async setMap(next) {
      wanted = next;
      if (!next) map = null;
      else if (at) await upload(next);
    },

    /**
     * Paints at once for a viewport and a scene, for while something moves: by
     * the nearest texel only, or, where the card is quick enough, finely.
     * `ratio` is device pixels to one of the page.
     */
    paintAtOnce(view, ratio, scene, isFine) {
      finely = null;
      if (!at) return;
      hasPicture ||= map !== null;
      sized(canvas, view, ratio);
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
      draw(canvas, view, ratio, scene, !isFine);
    },

    /**
     * Paints as finely as the shader can, aside and in strips, and shows the
     * picture when it is whole. A later call of either kind gives it up.
     */
    async paintFinely(view, ratio, scene) {
      if (!at) return;
      const mine = {};
      finely = mine;
      const size = { width: Math.round(view.width * ratio), height: Math.round(view.height * ratio) };
      const rows = Math.max(1, Math.floor(STEP_PIXELS / size.width));
      for (let row = 0; map && row < size.height; row += rows) {
        bindSheet(size);
        gl.enable(gl.SCISSOR_TEST);
        gl.scissor(0, row, size.width, rows);
        draw(size, view, ratio, scene, false);
        gl.disable(gl.SCISSOR_TEST);
        await finished();
        if (finely !== mine || !at) return;
      }
      finely = null;
      if (!map && !hasPicture) return;
      hasPicture = true;
      sized(canvas, view, ratio);
      gl.bindFramebuffer(gl.DRAW_FRAMEBUFFER, null);
      gl.clear(gl.COLOR_BUFFER_BIT);
      if (!map) return;
      gl.bindFramebuffer(gl.READ_FRAMEBUFFER, sheet.frame);
      gl.blitFramebuffer(0, 0, size.width, size.height, 0, 0, size.width, size.height, gl.COLOR_BUFFER_BIT, gl.NEAREST);
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    },
  };

  function draw(size, view, ratio, scene, quick) {
    gl.viewport(0, 0, size.width, size.height);
    gl.clear(gl.COLOR_BUFFER_BIT);
    if (!map) return;
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.uniform1i(at.lay, 0);
    gl.uniform2f(at.mapSize, map.width, map.height);
    gl.uniform4fv(at.mapBox, map.box);
    gl.uniform2f(at.viewCentre, view.x, view.y);
    gl.uniform2f(at.viewSize, size.width, size.height);
    gl.uniform1f(at.viewScale, view.scale * ratio);
    gl.uniform1f(at.side, view.mirrored ? -1 : 1);
    gl.uniform3fv(at.lamp, scene.lamp);
    gl.uniform3fv(at.eye, scene.eye);
    gl.uniform3fv(at.colour, scene.colour);
    gl.uniform4fv(at.surface, scene.surface);
    gl.uniform1f(at.tint, scene.tint);
    gl.uniform1f(at.exposure, scene.exposure);
    gl.uniform1f(at.ground, scene.ground);
    gl.uniform1i(at.quick, quick ? 1 : 0);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  /** Makes the sheet of a size the place that is drawn on. */
  function bindSheet({ width, height }) {
    if (sheet?.width !== width || sheet?.height !== height) {
      if (sheet) {
        gl.deleteFramebuffer(sheet.frame);
        gl.deleteTexture(sheet.picture);
      }
      sheet = { frame: gl.createFramebuffer(), picture: gl.createTexture(), width, height };
      gl.bindTexture(gl.TEXTURE_2D, sheet.picture);
      gl.texStorage2D(gl.TEXTURE_2D, 1, gl.RGBA8, width, height);
      gl.bindFramebuffer(gl.FRAMEBUFFER, sheet.frame);
      gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, sheet.picture, 0);
    }
    gl.bindFramebuffer(gl.FRAMEBUFFER, sheet.frame);
  }

  /** Resolves when the card has done what it was told, without blocking. */
  async function finished() {
    const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    gl.flush();
    do await new Promise((done) => setTimeout(done, POLL_MS));
    while (!gl.isContextLost() && gl.getSyncParameter(fence, gl.SYNC_STATUS) !== gl.SIGNALED);
    gl.deleteSync(fence);
  }
}

/** Gives a canvas the pixels of a view; setting them clears it. */
function sized(canvas, view, ratio) {
  const width = Math.round(view.width * ratio);
  const height = Math.round(view.height * ratio);
  if (canvas.width !== width) canvas.width = width;
  if (canvas.height !== height) canvas.height = height;
}

/** The linked program, or null; waits without blocking where that can be asked. */
async function linked(gl) {
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  const parallel = gl.getExtension('KHR_parallel_shader_compile');
  while (parallel && !gl.isContextLost() && !gl.getProgramParameter(program, parallel.COMPLETION_STATUS_KHR)) {
    await new Promise((done) => setTimeout(done, POLL_MS));
  }
  return gl.getProgramParameter(program, gl.LINK_STATUS) ? program : null;
}
