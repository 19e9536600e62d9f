"""Native OpenCV on one thread: Lab, blur, Otsu, opening and contour of a picture at full size. Prints JSON."""
import json, sys, time
import cv2, numpy as np

path, width, height, runs = sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4])
cv2.setNumThreads(1)
rgba = np.fromfile(path, np.uint8).reshape(height, width, 4)
image = np.ascontiguousarray(rgba[:, :, :3])
times = []
for _ in range(runs):
    start = time.perf_counter()
    lab = cv2.cvtColor(image, cv2.COLOR_RGB2LAB)
    blurred = cv2.GaussianBlur(lab, (5, 5), 0)
    _, mask = cv2.threshold(blurred[:, :, 2].copy(), 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    mask = cv2.morphologyEx(mask, cv2.MORPH_OPEN, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5)))
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = max(contours, key=cv2.contourArea)
    times.append(1000 * (time.perf_counter() - start))
print(json.dumps({"runs": times, "area": cv2.contourArea(largest)}))
