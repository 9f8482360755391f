# One filter at altitude: the example air_and_density. Run from the project's root:
#   gnuplot docs/images/air_and_density.gp
set terminal svg size 720,340 font "sans-serif,13" background "white"
set output "docs/images/air_and_density.svg"
data = "examples/expected/air_and_density.txt"
set xlabel "altitude, m"
set ylabel "pressure drop at 0.9 m3/s, Pa"
set xrange [0:3000]
set yrange [0:120]
set grid lc rgb "#dddddd"
set key bottom left reverse Left samplen 2
plot data index 0 using 1:5 with linespoints lc rgb "#0072B2" lw 2 pt 7 ps 0.6 title "viscous part constant, inertial part with density (invented filter)", \
     data index 0 using 1:6 with lines lc rgb "#D55E00" lw 2 dt 2 title "if all of it followed density"
