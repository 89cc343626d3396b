// Building the document: elements from data, text always as text.

const SVG = 'http://www.w3.org/2000/svg';

/**
 * An element. `props`: class, text, on {event: handler}, any property that
 * the element has, and otherwise attributes (null leaves one out).
 */
export function h(tag, props = {}, ...children) {
  return filled(document.createElement(tag), props, children);
}

/** The same for SVG. */
export function s(tag, props = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), props, children);
}

/** Replaces what `parent` holds. */
export function fill(parent, ...children) {
  parent.replaceChildren(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
}

/** Makes a non-button act as one for Enter and Space. */
export function actsAsButton(element, action) {
  element.setAttribute('role', 'button');
  element.tabIndex = 0;
  element.addEventListener('click', action);
  element.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' && event.key !== ' ') return;
    event.preventDefault();
    action(event);
  });
}

/** Reports whether typing goes into a text field now. */
export function isTyping(target) {
  return target instanceof HTMLElement && (target.isContentEditable || target.matches('input:not([type="checkbox"]):not([type="radio"]):not([type="range"]):not([type="color"]), textarea, select'));
}

function filled(element, props, children) {
  for (const [name, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === 'class') element.setAttribute('class', value);
    else if (name === 'text') element.textContent = value;
    else if (name === 'on') for (const [event, handler] of Object.entries(value)) element.addEventListener(event, handler);
    else if (name === 'data') Object.assign(element.dataset, value);
    else if (name in element && !(element instanceof SVGElement) && typeof value !== 'string') element[name] = value;
    else if (name === 'value') element.value = value;
    else element.setAttribute(name, value === true ? '' : value);
  }
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false) continue;
    element.append(child instanceof Node ? child : document.createTextNode(String(child)));
  }
  return element;
}
