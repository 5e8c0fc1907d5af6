@echo off
setlocal EnableExtensions DisableDelayedExpansion
set "ERRORLEVEL="
title pcaudit
"%~dp0python\python.exe" -I -B -X utf8 -m double_click assess %*
set "CODE=%ERRORLEVEL%"
echo.
pause
exit /b %CODE%
