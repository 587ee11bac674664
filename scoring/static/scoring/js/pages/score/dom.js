// Finding and filling the page's hooks.

export function one(selector, within = document) {
    return within.querySelector(selector);
}

export function all(selector, within = document) {
    return [...within.querySelectorAll(selector)];
}

export function slot(name) {
    return document.querySelector(`[data-slot="${name}"]`);
}

/** Write a text into every slot of that name, only where it differs: a live region speaks once. */
export function fill(name, text) {
    for (const place of all(`[data-slot="${name}"]`)) {
        put(place, text);
    }
}

export function put(place, text) {
    const wanted = String(text ?? '');
    if (place.textContent !== wanted) {
        place.textContent = wanted;
    }
}

/** Set an attribute, or take it away where the value is null or false. */
export function mark(element, name, value) {
    if (value === null || value === false || value === undefined) {
        element.removeAttribute(name);
    } else if (element.getAttribute(name) !== String(value === true ? '' : value)) {
        element.setAttribute(name, value === true ? '' : value);
    }
}

export function clone(id) {
    return document.getElementById(id).content.firstElementChild.cloneNode(true);
}

/** An SVG element with its attributes. */
export function drawn(name, attributes) {
    const element = document.createElementNS('http://www.w3.org/2000/svg', name);
    for (const [key, value] of Object.entries(attributes)) {
        element.setAttribute(key, value);
    }
    return element;
}

/** A button for use at the table. */
export function tableButton(act, text, data = {}) {
    const button = document.createElement('button');
    button.type = 'button';
    button.className = 'btn btn-table';
    button.dataset.act = act;
    Object.assign(button.dataset, data);
    button.textContent = text;
    return button;
}

/** What this device remembers of itself; a browser that forbids it forgets. */
export const memory = {
    get(name) {
        try {
            return localStorage.getItem(`ledger.${name}`);
        } catch {
            return null;
        }
    },
    set(name, value) {
        try {
            localStorage.setItem(`ledger.${name}`, value);
        } catch {
            // Nothing of the match depends on it.
        }
    },
};

/** What this page remembers until it is closed, as JSON. */
export const kept = {
    get(name) {
        try {
            return JSON.parse(sessionStorage.getItem(`ledger.${name}`));
        } catch {
            return null;
        }
    },
    set(name, value) {
        try {
            sessionStorage.setItem(`ledger.${name}`, JSON.stringify(value));
        } catch {
            // Then it begins afresh.
        }
    },
};
