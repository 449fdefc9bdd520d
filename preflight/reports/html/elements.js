"use strict";
// Makes elements, of the page and of drawings in it.
const make = (tag, name, text) => {
  const element = document.createElement(tag);
  if (name) element.className = name;
  if (text !== undefined) element.textContent = text;
  return element;
};
const draw = (parent, tag, attributes) => {
  const element = parent.appendChild(document.createElementNS("http://www.w3.org/2000/svg", tag));
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
};
