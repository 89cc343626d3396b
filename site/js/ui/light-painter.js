// Paints the face under the lamp with the shader. One texture, one rectangle;
// the cost does not grow with the number of lines.

import { FRAGMENT, VERTEX } from '../light-shader.js';

const NAMES = ['lay', 'mapSize', 'mapBox', 'viewCentre', 'viewSize', 'viewScale', 'side', 'lamp', 'eye', 'colour', 'surface', 'tint', 'exposure', 'ground', 'quick'];

/** A painter on `canvas`, or null where WebGL2 is not to be had. */
export function lightPainter(canvas) {
  const gl = canvas.getContext('webgl2', { antialias: false, premultipliedAlpha: true, preserveDrawingBuffer: true });
  if (!gl) return null;
  const program = linked(gl);
  if (!program) return null;
  const at = Object.fromEntries(NAMES.map((name) => [name, gl.getUniformLocation(program, name)]));
  gl.useProgram(program);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([-1, -1, 3, -1, -1, 3]), gl.STATIC_DRAW);
  const corner = gl.getAttribLocation(program, 'corner');
  gl.enableVertexAttribArray(corner);
  gl.vertexAttribPointer(corner, 2, gl.FLOAT, false, 0, 0);
  gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
  for (const [name, value] of [[gl.TEXTURE_MIN_FILTER, gl.NEAREST], [gl.TEXTURE_MAG_FILTER, gl.NEAREST], [gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE], [gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE]]) {
    gl.texParameteri(gl.TEXTURE_2D, name, value);
  }
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
  gl.clearColor(0, 0, 0, 0);
  let map = null;

  return {
    /** The widest lay map that this device takes, in pixels. */
    largest: Math.min(4096, gl.getParameter(gl.MAX_TEXTURE_SIZE)),

    /** Takes a new lay map {width, height, box, pixels}; null clears. */
    setMap(next) {
      map = next;
      if (!map) return;
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, map.width, map.height, 0, gl.RGBA, gl.UNSIGNED_BYTE, map.pixels);
    },

    /**
     * Paints for a viewport in device pixels and a scene; `quick` takes the
     * nearest texel only, for while the lamp moves.
     */
    paint(view, ratio, scene, quick) {
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.clear(gl.COLOR_BUFFER_BIT);
      if (!map) return;
      gl.uniform1i(at.lay, 0);
      gl.uniform2f(at.mapSize, map.width, map.height);
      gl.uniform4fv(at.mapBox, map.box);
      gl.uniform2f(at.viewCentre, view.x, view.y);
      gl.uniform2f(at.viewSize, canvas.width, canvas.height);
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
    },
  };
}

function linked(gl) {
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) return null;
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  return gl.getProgramParameter(program, gl.LINK_STATUS) ? program : null;
}
