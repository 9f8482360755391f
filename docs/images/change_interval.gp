# Cost of air against the change interval: the example change_interval. Run from the project's root:
#   gnuplot docs/images/change_interval.gp
set terminal svg size 720,400 font "sans-serif,13" background "white"
set output "docs/images/change_interval.svg"
data = "examples/expected/change_interval.txt"
set xlabel "running hours between changes"
set ylabel "cost of 1000 m3 of air, currency units"
set xrange [400:4000]
set yrange [0.04:0.095]
set grid lc rgb "#dddddd"
set key top right reverse Left samplen 2
plot data index 1 using 1:2 with lines lc rgb "#0072B2" lw 3 title "average, fixed speed (invented)", \
     data index 1 using 1:3 with lines lc rgb "#0072B2" lw 1 dt 3 title "running cost, fixed speed", \
     data index 2 using 1:2 with lines lc rgb "#D55E00" lw 3 dt 2 title "average, holding airflow (invented)", \
     data index 2 using 1:3 with lines lc rgb "#D55E00" lw 1 dt 3 title "running cost, holding airflow"
