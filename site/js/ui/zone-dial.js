export function pickPlace() {}
