# Moist air, and one filter at altitude: the example air_properties. Run from the project's root:
#   gnuplot docs/images/air_properties.gp
set terminal svg size 720,640 font "sans-serif,13" background "white"
set output "docs/images/air_properties.svg"
data = "examples/expected/air_properties.txt"
set grid lc rgb "#dddddd"
set multiplot layout 2,1
set title "Moist air is lighter: density at 101.325 kPa"
set xlabel "temperature, degC"
set ylabel "density, kg/m3"
set xrange [-10:40]
set yrange [1.08:1.36]
set key top right reverse Left samplen 2
plot data index 0 using 1:2 with lines lc rgb "#000000" lw 2 title "dry", \
     data index 0 using 1:3 with lines lc rgb "#0072B2" lw 2 title "50 % relative humidity", \
     data index 0 using 1:4 with lines lc rgb "#D55E00" lw 2 dt 2 title "saturated"
set title "The drop of one filter at altitude, 0.9 m3/s (invented filter)"
set xlabel "altitude, m"
set ylabel "pressure drop, Pa"
set xrange [0:3000]
set yrange [0:120]
set key bottom left reverse Left samplen 2
plot data index 1 using 1:5 with linespoints lc rgb "#0072B2" lw 2 pt 7 ps 0.6 title "viscous part constant, inertial part with density", \
     data index 1 using 1:6 with lines lc rgb "#D55E00" lw 2 dt 2 title "if all of it followed density"
unset multiplot
