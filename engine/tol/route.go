package tol

// RouteClear is how far (mm) a travel keeps from face that is still bare.
// Reason: more than half of the widest tip of a nozzle. User: route.
const RouteClear = 1.0

// RouteCorner is how far (mm) the corners that a travel goes round may lie from
// the line they stand for: less than RouteClear. User: route.
const RouteCorner = 0.6

// RouteBare is how much way (mm) a travel takes to keep off one mm of bare face.
// Reason: a drop that falls there stays on the picture, a longer way costs
// hundredths of a second; our own choice. User: route.
const RouteBare = 50.0

// RouteSlack is the length (mm) of bare face that is not worth a detour. User:
// route.
const RouteSlack = 0.2
